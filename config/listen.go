package config

import (
	"net"
	"strconv"
)

// onThisMachine reports whether nobody outside the machine can reach host:port. Port 0 stands for any free port.
func onThisMachine(address string) bool {
	host, port, err := net.SplitHostPort(address)
	if err != nil {
		return false
	}
	if _, err := strconv.ParseUint(port, 10, 16); err != nil {
		return false
	}
	ip := net.ParseIP(host)
	return host == "localhost" || ip != nil && ip.IsLoopback()
}
