"""The ground floor: calculation on numbers and dates; no tables, files, clock or print."""
