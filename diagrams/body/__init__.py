"""The body: its segments, joints and limits, and the frames that follow from its angles."""
