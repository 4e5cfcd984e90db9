"""Networks that a setting lists, and whether an address is of one."""

from __future__ import annotations

from ipaddress import IPv4Network, IPv6Address, IPv6Network, ip_address, ip_network

Networks = tuple[IPv4Network | IPv6Network, ...]


def read_networks(setting: str, text: str) -> Networks:
    """Return the addresses and networks that ``text`` lists, with commas between.

    Raises:
        ValueError: naming the setting and what in it is no address and no network.
    """
    return tuple(_network(setting, part) for part in map(str.strip, text.split(",")) if part)


def is_in(networks: Networks, address: str) -> bool:
    """Tell whether an address is of one of the networks; what is no address is of none."""
    try:
        found = ip_address(address)
    except ValueError:
        return False
    if isinstance(found, IPv6Address) and found.ipv4_mapped:  # how a socket for both kinds tells the older
        found = found.ipv4_mapped
    return any(found in network for network in networks)


def _network(setting: str, part: str) -> IPv4Network | IPv6Network:
    try:
        return ip_network(part, strict=False)
    except ValueError:
        lists = "lists addresses or networks, such as 10.0.0.7 or 10.0.0.0/8"
        raise ValueError(f'The setting {setting} {lists}, not "{part}".') from None
