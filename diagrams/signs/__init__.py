"""Signs on a picture, each with one meaning: movement, earlier place, felt here, angle, enlarged parts.

movement.py (what gets an arrow), arrows.py, arrow_shapes.py, bend_arrow.py, ghost.py (the place before), felt.py (where
it is felt), angle.py, rest.py, other_side.py; enlarged parts: inset.py, inset_place.py, hand_inset.py, feet_inset.py;
legend.py (each sign alone); picture_checks.py, sign_checks.py, seen_props.py, hidden_limbs.py (what is
wrong with a picture).
"""
