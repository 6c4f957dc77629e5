# SPDX-License-Identifier: MIT
"""Who may do what: `rules` is the table, `access` asks it, `accounts` and `invitations` make and open accounts, `audit` remembers."""
