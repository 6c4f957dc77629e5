# SPDX-License-Identifier: MIT
"""The stored ledger: `store` takes events in, `outcomes` keeps what they give, `check` proves both, `exchange` carries them."""
