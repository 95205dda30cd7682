"""What to do at each apiary: the programmes possible, how next season would go with each, and the choice."""
