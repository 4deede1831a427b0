"""What an author may write: poses, joints, parts and props in the words of the trade.

words.py (parts and props), joint_words.py (joints as motions of the skeleton), spec_joints.py (the joints one may
state), spec.py (what stands under `figure:`).
"""
