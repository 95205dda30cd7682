"""The record sheets: what a bee farmer writes down, read without losing a row."""
