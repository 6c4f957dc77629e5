# SPDX-License-Identifier: MIT
"""Figures of the science layer as Python constants, each row with its source."""
