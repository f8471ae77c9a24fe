"""How a belt runs sideways: the belt as a tensioned beam around its whole loop; pure.

The one page of signs, symbols and units for everything in this package.

======  ======  ===============================================================================
symbol  unit    meaning
======  ======  ===============================================================================
s       m       loop position along belt travel, 0 at the tail pulley's leaving tangent
y       m       belt centre from conveyor centre, + right looking in carrying travel, both runs
alpha   rad     skew of a roll or pulley: + when its right end is displaced in the local direction
                of belt travel; it then drives the belt left
eps     rad     heading a roll imposes on the belt: eps = -alpha
T       N       belt tension
EI      N m2    in-plane bending stiffness of the belt, E b^3 / 12 with E per width [N/m]
C       N/rad   grip of a roll: lateral force per radian between belt heading and roll heading
k       N/m2    centring stiffness of the trough, force per offset and metre of belt
b       m       belt width
theta_s rad     slip angle at which friction is used up
======  ======  ===============================================================================

The belt keeps its side when it goes round a pulley: y and dy/ds keep their meaning over the whole
loop, and no sign flips on the return run as long as every skew is stated against local travel.
Steady, fixed pattern:  EI y'''' - (T y')' + k y = sum_i delta(s - s_i) C_i (eps_i - y') + q(s).
"""
