"""What a connected system calls things: our records into its words and its words into ours.

Pure: knows neither tables nor the web. `Wording` is its one entry; the rooms say in a `Shape`
where in a record which words stand.
"""
