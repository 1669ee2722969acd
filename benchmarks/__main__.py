"""`make bench`: every benchmark, one after the other."""

from benchmarks import dues, gauges, labels, leaks, lists, owner_files, reports

if __name__ == "__main__":
    for bench in (dues, lists, gauges, leaks, labels, owner_files, reports):
        print(f"== {bench.__name__}", flush=True)
        for line in bench.run():
            print(line, flush=True)
