"""The invented plants and eighteen months of their life, told through the real use cases.

Data stands in `fixtures/larkwater/`. Pure: `course` (positions), `response` and `eyes` (what a true
cause makes people see), `talk` (callers' words), `plot` (who has which trouble when). With rows:
`ground` (plants, conveyors), `cast` (people), `telling` (one case through the services), `loading`.
"""
