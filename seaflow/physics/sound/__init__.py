"""From a shaking pump to the ear in a berth."""
