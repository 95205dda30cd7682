"""The plan: next season as programmes, dates, visits and purchases."""
