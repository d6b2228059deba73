"""The day put to the planner, and its plan kept: between jobs.planning and the screens."""
