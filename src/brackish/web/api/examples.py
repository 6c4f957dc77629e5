# SPDX-License-Identifier: MIT
"""An example of every request and answer, for the API's own description. They were recorded; a test walks the API again beside them."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

FILE = Path(__file__).parent / "examples.json"


def described(schema: dict[str, Any]) -> dict[str, Any]:
    """The description with `example` beside each JSON body, as asked and as answered when all goes well."""
    recorded = json.loads(FILE.read_text("utf-8"))
    for path, methods in schema["paths"].items():
        for method, operation in methods.items():
            row = recorded.get(f"{method.upper()} {path}", {})
            if "request" in row:
                operation.setdefault("requestBody", {}).setdefault("content", {}).setdefault("application/json", {})["example"] = row["request"]
            if "response" in row:
                status = min(operation["responses"])
                operation["responses"][status].setdefault("content", {}).setdefault("application/json", {})["example"] = row["response"]
    return schema
