"""The job room: everything that is done on a machine from the name to the record, one action after the other.

What a mapping says has been done, what comes next, what to expect and what else a meter may show.  Words
and order only: figures come from `doorsheet.electrics`, places on paper are the business of the rooms above.
"""
