# SPDX-License-Identifier: MIT
"""Signatures: `keys` seals a person's Ed25519 key with their password, `sign` puts one signature into the ledger."""
