package night

import (
	"context"
	"fmt"
	"path/filepath"
	"runtime"
	"sync"

	"fluedrift/cmd/fluedrift/publish"
	"fluedrift/cmd/fluedrift/settings"
	"fluedrift/queries"
)

// output is where a night writes: the lists folder and the warehouse beside the
// one in use. Only what was put in use is left of it.
type output struct {
	config    *settings.Config
	version   string // of the program
	disk      *publish.Disk
	warehouse *queries.Warehouse
	swapping  sync.Mutex // held while the publication is put in place
	published bool
}

// openOutput opens the folders the night writes in and clears what a broken
// night left there.
func (o *output) openOutput(trace func(publish.Op)) (err error) {
	store := o.config.Path(o.config.Output.Warehouse)
	if o.disk, err = publish.OpenDisk(o.config.Path(o.config.Output.Lists), filepath.Dir(store),
		o.config.Output.GroupReadable); err != nil {
		return err
	}
	o.disk.Traced = trace
	if err := queries.Remove(o.newPath()); err != nil {
		return fmt.Errorf("cannot clear what a broken night left: %w", err)
	}
	probe := filepath.Base(o.newPath()) // found now, before any work
	return o.disk.Probe(probe)
}

// newWarehouse opens an empty warehouse beside the one in use.
func (o *output) newWarehouse(ctx context.Context) error {
	options := o.warehouseOptions()
	options.Settings = o.config.ListsDigest()
	w, err := queries.Create(ctx, o.newPath(), options)
	o.warehouse = w
	return err
}

func (o *output) warehouseOptions() queries.Options {
	options := WarehouseOptions(o.version)
	options.MemoryMB = engineMB(o.config.Guards.MaxMemoryMB)
	return options
}

func (o *output) newPath() string { return o.config.Path(o.config.Output.Warehouse) + ".new" }

// keepForecasts refuses to put a build in the place of the warehouse of a published list,
// which holds the forecasts that reading commands show.
func (o *output) keepForecasts() error {
	shelf, err := publish.ReadShelf(o.disk.Lists())
	if err != nil || shelf.Latest == "" {
		return err
	}
	return settings.Fail(settings.Usage, "build: the warehouse %s holds the forecasts of the newest list, and build makes none\n"+
		"name the file to build with -o FILE, or make warehouse and lists with: fluedrift nightly",
		o.config.Path(o.config.Output.Warehouse))
}

// dropWarehouse closes and removes a warehouse that was not put in use.
func (o *output) dropWarehouse() {
	if o.warehouse != nil {
		o.warehouse.Close()
		o.warehouse = nil
	}
	queries.Remove(o.newPath())
}

// closeWarehouse closes the new warehouse, opens it once more as a reader would,
// which compares its row counts, and sets its mode.
func (o *output) closeWarehouse(ctx context.Context) error {
	err := o.warehouse.Close()
	o.warehouse = nil
	if err != nil {
		return fmt.Errorf("cannot close the warehouse: %w", err)
	}
	w, err := queries.Open(ctx, o.newPath(), o.warehouseOptions())
	if err != nil {
		return fmt.Errorf("the new warehouse does not read back: %w\nis there space left in %s?", err, filepath.Dir(o.newPath()))
	}
	if err := w.Close(); err != nil {
		return err
	}
	return o.disk.Store().Chmod(filepath.Base(o.newPath()), o.disk.FileMode())
}

// useWarehouse puts the new warehouse in the place of the old.
func (o *output) useWarehouse(ctx context.Context) error {
	if err := o.closeWarehouse(ctx); err != nil {
		return err
	}
	return o.disk.UseWarehouse(o.storeName())
}

// storeName is the name of the warehouse in its folder.
func (o *output) storeName() string { return filepath.Base(o.config.Output.Warehouse) }

// WarehouseOptions are the same for all that open the warehouse.
func WarehouseOptions(version string) queries.Options {
	return queries.Options{Threads: runtime.GOMAXPROCS(0), Version: version}
}
