"""Files to checked records: orders, build lists, shop settings and price tables.

Past this room every value is right, so nothing further in tests it again.
"""
