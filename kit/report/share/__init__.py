"""Sharing with an association: one member's pack, and the report of many packs together.

`share` a member's season → `draft` (what goes, who it stands for) → `pack` (the zip) · `reading` (zips nobody need
trust) → `member` → `pool` → `released` (what two reports together would tell) → `run`.
"""
