"""Interactive notebooks: controls in, numbers of the floors below out, drawn at once. Nothing is calculated here."""
