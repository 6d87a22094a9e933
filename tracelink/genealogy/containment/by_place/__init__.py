"""Containment of discs that are followed by where they were: on spindles in a step, in cartons, through a station."""
