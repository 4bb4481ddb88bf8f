package main

import (
	"fmt"
	"io"
)

// serviceUnit runs one night. It may write its own state folder and nothing
// else, and has no network.
const serviceUnit = `[Unit]
Description=fluedrift: nightly watchlist of gas boilers
Documentation=man:systemd.exec(5)
RequiresMountsFor=/var/lib/fluedrift /srv/exports
# Started when a night fails: any code but 0 and 10, a crash, a night that takes too long.
OnFailure=fluedrift-failed.service

[Service]
Type=oneshot
User=fluedrift
Group=fluedrift
ExecStart=/usr/local/bin/fluedrift nightly -config /etc/fluedrift/fluedrift.toml
WorkingDirectory=/var/lib/fluedrift
StateDirectory=fluedrift
StateDirectoryMode=0750
# 10: published, with something to look at. It is no failure of the service.
SuccessExitStatus=10
TimeoutStartSec=2h
TimeoutStopSec=10s
MemoryMax=4G
Nice=10
IOSchedulingClass=idle
UMask=0077

# Read the exports, write the state folder, see nothing else.
ProtectSystem=strict
ProtectHome=yes
ReadOnlyPaths=/etc/fluedrift /srv/exports
PrivateTmp=yes
PrivateDevices=yes
PrivateNetwork=yes
PrivateUsers=yes
RestrictAddressFamilies=none
IPAddressDeny=any
NoNewPrivileges=yes
CapabilityBoundingSet=
AmbientCapabilities=
ProtectClock=yes
ProtectControlGroups=yes
ProtectHostname=yes
ProtectKernelLogs=yes
ProtectKernelModules=yes
ProtectKernelTunables=yes
ProtectProc=invisible
ProcSubset=pid
LockPersonality=yes
MemoryDenyWriteExecute=yes
RemoveIPC=yes
RestrictNamespaces=yes
RestrictRealtime=yes
RestrictSUIDSGID=yes
SystemCallArchitectures=native
SystemCallFilter=@system-service
SystemCallFilter=~@privileged @resources
SystemCallErrorNumber=EPERM
`

// failedUnit tells somebody of a night that failed. A crash leaves no metrics and
// no message of the program's own, so the service manager has to.
const failedUnit = `[Unit]
Description=fluedrift: report a night that failed

[Service]
Type=oneshot
# The last lines of the night, to whoever reads root's mail; any other command does as well.
ExecStart=/bin/sh -c 'journalctl -u fluedrift.service -n 30 --no-pager | mail -s "fluedrift: a night failed on $(hostname)" root'
`

// timerUnit starts the service every night, and once after a night in which the
// machine was off.
const timerUnit = `[Unit]
Description=fluedrift: every night

[Timer]
OnCalendar=*-*-* 02:30:00
Persistent=true
RandomizedDelaySec=10min
AccuracySec=1min

[Install]
WantedBy=timers.target
`

// cronLine does the same where there is no systemd.
const cronLine = `30 2 * * *  fluedrift  umask 077; /usr/local/bin/fluedrift nightly -q -config /etc/fluedrift/fluedrift.toml`

// scheduleFiles are the files that helpSchedule prints, each as it is installed.
var scheduleFiles = partsOf{
	{"fluedrift.service", func(w io.Writer) { fmt.Fprint(w, serviceUnit) }},
	{"fluedrift-failed.service", func(w io.Writer) { fmt.Fprint(w, failedUnit) }},
	{"fluedrift.timer", func(w io.Writer) { fmt.Fprint(w, timerUnit) }},
	{"fluedrift.cron", func(w io.Writer) { fmt.Fprintln(w, cronLine) }},
}

// helpSchedule prints how to run a night every night.
func helpSchedule(w io.Writer) {
	fmt.Fprintf(w, `# A night every night. Paths: the program in /usr/local/bin, its configuration
# and layouts in /etc/fluedrift, warehouse and lists in /var/lib/fluedrift, exports
# in /srv/exports. In the configuration name the folders in full:
#   [exports] folder = "/srv/exports"   layouts = "/etc/fluedrift/layouts"
#   [output]  warehouse = "/var/lib/fluedrift/warehouse.duckdb"   lists = "/var/lib/fluedrift/lists"
# A metrics file for a collector has to lie in /var/lib/fluedrift too, or its
# folder has to be added as ReadWritePaths=.

# --- /etc/systemd/system/fluedrift.service
%s
# --- /etc/systemd/system/fluedrift-failed.service
%s
# --- /etc/systemd/system/fluedrift.timer
%s
# Then:
#   useradd --system --home-dir /var/lib/fluedrift --shell /usr/sbin/nologin fluedrift
#   systemctl daemon-reload
#   systemctl enable --now fluedrift.timer
#   systemctl start fluedrift.service; journalctl -u fluedrift.service

# --- without systemd, one line in /etc/cron.d/fluedrift (mail on anything that
# needs a person: a quiet night with -q prints nothing)
%s
`, serviceUnit, failedUnit, timerUnit, cronLine)
}
