"""Pure functions of brewing quantities.

No clock, no files written, no text for people, and nothing of ours imported: `conversations` and `bot`
stand on this package and not the other way round. Public functions take and return pint quantities made
with :data:`calc.units.ureg`; formulas inside run on floats that carry their unit in the name.
"""
