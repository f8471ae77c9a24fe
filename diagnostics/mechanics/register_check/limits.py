"""What the register's figures are held against; every figure with where it comes from.

Where no standard gives a limit it is common practice, kept wide: a question that is asked of
every second conveyor is soon read by nobody.
"""

from plant.loop.vocabulary import ComponentKind

# ISO 251, standard widths in mm, from memory; 3200 is its end.
WIDTHS_MM = (
    *(300, 400, 500, 600, 650, 800, 1000, 1200, 1400, 1600, 1800, 2000, 2200, 2400),
    *(2600, 2800, 3000, 3200),
)
# Widths in whole inches as belts are sold where inches are used; common practice, no source.
WIDTHS_IN = (18, 20, 24, 30, 36, 42, 48, 54, 60, 72, 84, 96)
MM_PER_INCH = 25.4
# Belts are cut to about 1 % of their width; engineering judgement.
WIDTH_WITHIN = 0.01

# ISO 1537 and CEMA, from memory; 0 is a flat belt.
TROUGH_ANGLES_DEG = (0.0, 20.0, 25.0, 30.0, 35.0, 45.0)
TROUGH_WITHIN_DEG = 1.0

# A belt cannot be shorter than its path but for how both were measured; engineering judgement.
SHORTER_SHARE = 0.001
# Usual travel of a take-up over the centre distance: fabric 2 %, steel cord 0.5 %; common
# practice, no source.
TAKE_UP_TRAVEL_SHARE = {"ST": 0.005}
USUAL_TRAVEL_SHARE = 0.02

# A survey and a drawing differ by so much: share of the figure, and no less than so many metres;
# engineering judgement.
HEIGHTS_WITHIN_SHARE, HEIGHTS_WITHIN_M = 0.02, 0.5
# Most bulk materials slide or roll back on a plain belt beyond 18 to 20 deg; common practice, no
# source.
MOST_SLOPE_DEG = 20.0

# Belt thickness, lagging wear and slip together; engineering judgement.
SPEED_WITHIN_SHARE = 0.03
# Common practice, no source.
MOST_ROLL_RPM = 600.0
# TM 5-3820-233-12 gives 1.04 to 1.56 % on 4 ft and calls 1 % normal; 2 % as the limit is common
# practice, no source.
MOST_SAG_SHARE = 0.02
# Weighing and guide friction; engineering judgement.
TAKE_UP_WITHIN_SHARE = 0.10

# Distances between idler sets; common practice, no source. [m]
SPACING_M = {
    ComponentKind.TROUGHING_IDLERS: (0.6, 2.0),
    ComponentKind.IMPACT_IDLERS: (0.15, 1.2),
    ComponentKind.TRANSITION_IDLERS: (0.3, 2.0),
    ComponentKind.RETURN_IDLERS: (1.5, 6.0),
    ComponentKind.VEE_RETURN_IDLERS: (1.5, 6.0),
}
# A stretch without a set longer than this many spacings; engineering judgement.
MOST_SPACINGS_IN_A_GAP = 3.0
# Closer sets than this stand close for the load, not for the gap behind them. [m]
LEAST_SPACING_FOR_GAPS_M = 1.0

# Pulleys by the tension they carry, the largest first; common practice, no source (the idea of the
# groups A, B and C of ISO 3684, from memory).
PULLEY_RANKS = {
    ComponentKind.DRIVE_PULLEY: 0,
    ComponentKind.HEAD_PULLEY: 0,
    ComponentKind.TAIL_PULLEY: 1,
    ComponentKind.TAKE_UP_PULLEY: 1,
    ComponentKind.BEND_PULLEY: 2,
    ComponentKind.SNUB_PULLEY: 2,
}
# Lagging, and the next smaller size, make no question; engineering judgement.
PULLEY_LARGER_SHARE = 1.3

# Least distance from a pulley raised by half the trough to the first full set, over belt width, at
# less than 60 % of the belt's rated tension: CEMA belt book, read in a public data sheet that
# restates its table; the distance is doubled for a pulley level with the middle rolls. Below 20
# degrees in proportion (engineering judgement).
TRANSITION_DEG = (0.0, 20.0, 35.0, 45.0)
TRANSITION_FABRIC = (0.0, 0.6, 0.9, 1.2)
TRANSITION_STEEL = (0.0, 1.0, 1.8, 2.2)

# Length coefficient of ISO 5048: all resistances but slope and special ones over the main one;
# from memory. [m]
LENGTHS_M = (100.0, 200.0, 300.0, 500.0, 800.0, 1000.0, 2000.0)
LENGTH_COEFFICIENTS = (1.78, 1.45, 1.31, 1.20, 1.12, 1.09, 1.05)
