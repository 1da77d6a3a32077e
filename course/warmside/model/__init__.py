"""The refrigerator in its enclosure as equations. SI throughout, vectorised; knows nothing of notebooks."""
