# SPDX-License-Identifier: MIT
"""The core as one file for the browser, where the same Python judges without a network.

`static/brackish/judge-worker.js` unpacks it into the Python that `static/vendor/pyodide` carries.
Nothing is translated: the browser runs these very files, and a test compares its outcomes byte for byte.
"""

from __future__ import annotations

import io
import zipfile
from pathlib import Path

import brackish

PARTS = ("__init__.py", "errors.py", "quantities.py", "science", "library", "record", "judge")
SUFFIXES = (".py", ".toml")
EPOCH = (1980, 1, 1, 0, 0, 0)  # the earliest time a zip can hold: the same files give the same bytes


def core_archive() -> bytes:
    """Everything that judging a job needs, as a zip."""
    root = Path(brackish.__file__).parent
    files = [file for part in PARTS for file in ([root / part] if part.endswith(".py") else sorted((root / part).rglob("*")))]
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w") as archive:
        for file in files:
            if file.suffix in SUFFIXES and "__pycache__" not in file.parts:
                entry = zipfile.ZipInfo(f"brackish/{file.relative_to(root).as_posix()}", EPOCH)
                entry.compress_type = zipfile.ZIP_DEFLATED
                archive.writestr(entry, file.read_bytes())
    return out.getvalue()
