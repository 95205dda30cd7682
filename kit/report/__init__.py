"""The reports: the only floor that draws, words, or runs notebooks."""
