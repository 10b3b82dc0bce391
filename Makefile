# tankroll. Every target sets up what it needs and no more; only the browser
# test needs Chromium.

GO      ?= go
ARCHIVE ?= demo-archive
FUZZ    ?= 60s
SCALE   ?= 2000,20000

.PHONY: help setup setup-browser setup-reference build demo test check-long bench lint model clean

help:
	@echo "make demo        read the bundled printouts, keep them, ask and show what is covered"
	@echo "make test        every test, the browser test included"
	@echo "make check-long  fuzzing, many crashes, the race detector, reference values made anew"
	@echo "make bench       accuracy, time and memory on printouts kept for judging, beside plain tesseract"
	@echo "make lint        gofmt, go vet, staticcheck"
	@echo "make model       train the networks anew; three hours, needs PyTorch"
	@echo "make build       bin/tankroll"
	@echo "make setup       install what building needs, through apt"

setup:
	@.ci/setup build

setup-browser: setup
	@.ci/setup browser

setup-reference: setup
	@.ci/setup reference

build: setup
	@mkdir -p bin
	$(GO) build -o bin/tankroll ./cmd/tankroll

demo: build
	@rm -rf $(ARCHIVE)
	@TANKROLL=bin/tankroll ARCHIVE=$(ARCHIVE) sh fixtures/demo.sh

test: setup-browser
	$(GO) test ./...

check-long: setup-browser setup-reference
	/usr/bin/python3 ocr/reference/reference.py -check
	$(GO) test -race -timeout 60m ./record ./parse/... ./archive ./index/... ./comply ./web ./internal/...
	TANKROLL_LONG=1 $(GO) test -count=1 -timeout 60m ./...
	FUZZ=$(FUZZ) GO=$(GO) sh .ci/fuzz

bench: build
	$(GO) run ./internal/bench -tankroll bin/tankroll $(BENCH)
	$(GO) run -tags sqlite_fts5 ./internal/scale -n $(SCALE)
	$(GO) test -run '^$$' -bench . -benchmem ./parse/... ./archive ./index/... ./ocr/...

lint: setup
	@out=$$(gofmt -l .); if [ -n "$$out" ]; then echo "gofmt: these files want formatting:"; echo "$$out"; exit 1; fi
	$(GO) vet ./...
	$(GO) tool staticcheck ./...

model: setup
	ocr/slipnet/train/learn.sh
	ocr/papernet/train/learn.sh
	parse/tagger/train/learn.sh

clean:
	rm -rf bin $(ARCHIVE) $(ARCHIVE)-backup.zip
