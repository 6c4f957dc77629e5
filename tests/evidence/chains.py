# SPDX-License-Identifier: MIT
"""Steps of several public functions, for outside values that no single one gives; nothing is computed here by itself."""
