"""Control charts along the stroke life of a tool or the time of a press."""
