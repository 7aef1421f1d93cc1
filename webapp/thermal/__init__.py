"""Heat, sun and moisture on a cake: plain functions in SI or °C on floats and arrays.

Nothing here reads files, knows a brief or imports Flask, decision or kitchen; clock and seed are passed in.
"""
