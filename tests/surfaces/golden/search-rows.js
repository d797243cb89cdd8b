globalThis.cooksOfThisJournal = [
["cooks/2027-09-25-harvest-supper.html","Harvest supper shoulder","Saturday 25 September 2027","bone-in pork shoulder, 8 lb 8 oz","harvest supper shoulder 2027-09-25 saturday 25 september 2027 bone-in pork shoulder, 8 lb 8 oz village hall windy plain rub cider spritz it pulled clean and stayed moist. wrap half an hour later. wind turned wanted more pepper"],
["cooks/2027-06-12-two-racks.html","Two racks, one glazed","Saturday 12 June 2027","2 \u00d7 trimmed spare ribs, 1.12 kg each","two racks, one glazed 2027-06-12 saturday 12 june 2027 2 \u00d7 trimmed spare ribs, 1.12 kg each which? tender: a at 14:30 and b at 15:00."]
];
