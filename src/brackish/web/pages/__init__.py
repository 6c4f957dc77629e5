# SPDX-License-Identifier: MIT
"""Pages for people: `entrance` is the door."""
