"""From evidence to ranked hypotheses; pure, knows no framework and no table.

Signs: offsets [mm] positive to the right looking in the direction of carrying travel, on both
runs. Loop position [m]: plant.loop. Belt position [m]: from the reference splice in the direction
of travel; a place ahead of the splice passes an observer before the splice does.
The boundary is `evidence.Evidence` in, `answer.Answer` out.
"""
