"""whitemetal: the oil clearance of a split white-metal journal bearing, from soft wire to verdict."""
