"""A stochastic season of colonies and mites, made by another mechanism than the kit fits.

It shares no code and no constants with the kit: every number here is written out again, with where it
comes from. Mites are whole; every passage from bees to cells, out of cells, to the board and to the next
colony is an integer draw over day cohorts. Kill varies by round, hive and seal; growth wanders; counts are
overdispersed; mites drift in from outside in bursts. It yields the true mites by day, and record sheets.

`phenology` the bee year · `hives` lanes, traits and one day · `kills` treatments as daily hazards ·
`run` many days · `reading` boards and washes · `truth` efficacy over branches · `fate` who dies and of what.
"""
