"""The medicine record: its lines, the stock of each batch, limits of labels, the history of what is sold."""
