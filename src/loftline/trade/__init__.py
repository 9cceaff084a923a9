"""Tables of the trade as data, each row with its source."""
