"""The mixer: what each motor does for lift, roll, pitch and yaw, and what its place says it should.

Axes everywhere: x forward, y right, z down. Roll is positive right side down, pitch nose up, yaw nose
right.
"""
