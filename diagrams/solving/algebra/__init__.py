"""Least squares, two-bone limbs and polygons: sums that know no exercise.

least_squares.py (one pose), two_bone.py (seeds for a limb), support.py (what holds the body up).
"""
