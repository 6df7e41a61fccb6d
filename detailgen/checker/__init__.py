"""The independent checker: measures drawings, looks up tables, reports. Shares no arithmetic with the rules that it judges."""
