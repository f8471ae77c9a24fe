"""What a person or a sensor saw at one station while the belt went round; pure.

`sensor_file` reads a file into samples, `turning` says how long the belt takes once round,
`folding` and `tapping` weigh whether something comes round with it, `placing` says where on the
belt it sits, `weighed` puts these together for the engine; `sharing` says how much of the movement
stays, travels or does neither, `reading` is the whole for a person and `sentences` says it.
"""
