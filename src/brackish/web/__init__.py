# SPDX-License-Identifier: MIT
"""The server: one ledger, its accounts, its API. Pages are another client of the same API.

    models     what is stored            ledger/   events in, outcomes out, check, export, import
    people/    roles, sign-in, audit     signing/  keys and signatures
    api/       /api/v1                   serve     the command `brackish serve`

Nothing is judged here: `ledger/outcomes.py` folds, calls `brackish.evaluate` and keeps what it says.
"""
