"""Random layered designs, what overlaps in them, and the best order by trying all."""
