"""What a fill-making step sewed, measured with shapely (GEOS) and numpy alone."""
