"""Which apiary on which day: the problem, the search, the bound and an independent checker."""
