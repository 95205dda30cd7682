"""Batteries and sublimators at work: each use, each charge, slow vapour and its likely cause, what to expect next."""
