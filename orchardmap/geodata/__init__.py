"""Files in and files out. What people hand in is never trusted and never reaches GDAL by name."""
