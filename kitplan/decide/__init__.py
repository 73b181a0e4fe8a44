"""What people ask beside a plan: of a load by hand, after a mishap, who and what counts most."""
