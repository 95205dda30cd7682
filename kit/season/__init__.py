"""The season: records joined with calculation into a review, computed once."""
