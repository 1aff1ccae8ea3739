"""Tables of the trade: every number with its unit and its source. Holds no formula and knows nothing above it."""
