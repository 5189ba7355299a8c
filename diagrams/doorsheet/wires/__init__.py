"""The wires room: the wire list as a table for spreadsheets, and marks for the wires' ends.

Above the booklet, whose list of links, bridges and parts it takes; files belong to output.
"""
