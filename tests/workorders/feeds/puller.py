import json
import os
import pathlib
import time
import urllib.request as web

site, key = os.environ["LOOPWRIGHT_SITE"], os.environ["LOOPWRIGHT_KEY"]
kept = pathlib.Path("work-orders.cursor")  # how far we are; outlives a restart
after = kept.read_text() if kept.exists() else ""
while True:
    asked = f"{site}/api/v1/work-orders/changes?limit=500&wait=25&own=no&after={after}"
    try:
        request = web.Request(asked, headers={"Authorization": f"Api-Key {key}"})
        answer = json.load(web.urlopen(request, timeout=60))
    except Exception as trouble:  # 410 Gone: begin with after=now and the list of work orders
        print("trouble:", trouble, flush=True)
        time.sleep(5)
        continue
    for change in answer["results"]:  # yours from here on; a change may come twice
        order = change["record"]
        print(change["number"], change["kind"], order["number"], order["state"], flush=True)
    kept.with_suffix(".new").write_text(after := answer["next"])  # only once all is worked in
    kept.with_suffix(".new").replace(kept)
