"""Least squares, two-bone limbs and polygons: sums that know no exercise."""
