"""The plan's rooms."""
