"""The season read through the law of the mites: the parameters of every hive given all records."""
