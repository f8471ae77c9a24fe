"""An independent simulator of mistracking belts, for judging the engine on cases it never saw.

Written apart from `diagnostics/mechanics`: finite differences instead of beam elements, Coulomb
grip that saturates, a trough that centres more strongly the farther the belt is off, a structure
that stops the belt at the clearance, figures that differ from the register. It answers cases in
the format of the walk-down files, with their truth.
"""
