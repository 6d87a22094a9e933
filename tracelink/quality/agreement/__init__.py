"""Whether measuring agrees with itself: two inspectors, and one gauge in several hands."""
