"""A plan made again once its season has begun: what is done, what goes on, what changed and why."""
