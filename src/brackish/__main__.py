# SPDX-License-Identifier: MIT
"""`python -m brackish` is `brackish`."""

from brackish.cli.main import main

raise SystemExit(main())
