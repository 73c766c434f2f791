"""Where the pump goes: what must hold at each place, what is heard at each berth, what it costs."""
