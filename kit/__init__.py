"""A bee farmer's year of mite control: record sheets in, a season review and a next-season plan out.

The house has floors, and a module imports only from its own floor or below: the cellar
(`errors`, `checks`, `sources`, `constants`), the ground floor of calculation (`calc`), the record
sheets (`records`), the season (`season`), the plan (`plan`), and the reports (`report`, `panels`).
"""

__version__ = "0.1.0"
