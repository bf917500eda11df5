"""The spoon that lives in the jar: its notch, the cutter for it, how it lies, and how it scoops.

The spoon is metal, measured once, and never shrinks; the jar comes as fired. Everything happens in the upright plane
through the axis and the notch: x runs from the axis to the notch (the near side; the far side is negative), z up from
the table, in mm. Angles are the handle's, in degrees from horizontal, rising towards the notch.
"""
