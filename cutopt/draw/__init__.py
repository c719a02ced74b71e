"""Plan and steps -> scenes: pages in points on paper, made of lines and words."""
