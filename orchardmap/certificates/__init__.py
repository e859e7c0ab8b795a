"""The farm's own certificates, so that a tablet can speak to the service over https without the internet."""
