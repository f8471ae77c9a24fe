"""How long things last and when to renew them; pure.

Ages are running hours (or kilometres, days: any one unit that the caller keeps to), costs any one
currency; a cost rate is cost per unit of age. Lives are Weibull: the share that survives age t is
exp(-(t/scale)^shape); shape below 1 means early failures, 1 failures by chance at any age, above 1
wearing out. `right-censored` is a life that was not seen to end: still running, or taken out whole.
"""
