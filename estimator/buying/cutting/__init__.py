"""Cutting lengths from stock boards at the least purchase cost: whole numbers in, a plan and its lower bound out.

The door is `plan.plan_cuts`; `job` holds what goes in and what comes out. Nothing here knows wood or money types.
"""
