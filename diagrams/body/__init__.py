"""The body: its segments, joints and limits, and the frames that follow from its angles.

girths.py (how stout a body is, place by place), skeleton.py (segments and joints), origins.py (where each is attached),
kinematics.py (where all is for given angles), overlap.py (limbs that pass through each other), vectors.py (small sums).
"""
