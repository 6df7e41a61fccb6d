"""What can be bought: tables of bolts, washers, plates and lumber."""
