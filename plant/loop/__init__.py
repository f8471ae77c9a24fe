"""The belt's path, computed from the register; pure, knows no framework and no table.

Loop position [m]: along the belt path in the direction of carrying travel, 0 where the belt leaves
the tail pulley onto the carrying run. A pulley's position is where the belt meets it.
Side: right is right when looking in the direction of carrying travel, on both runs.
Pulley angles [deg]: direction of belt travel in side view, 0 = carrying travel, 90 = up.
"""
