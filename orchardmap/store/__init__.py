"""The record, kept safe: one store on two engines (SQLite file, PostgreSQL with PostGIS)."""
