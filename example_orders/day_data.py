"""The orders of the day, the rush of the morning, and the small day: invented customers throughout."""

from __future__ import annotations

ORDERS = """
4101; Brackenmoor Juniors; parcel; high
  match shirt; red; polyester; Y-S 3, Y-M 5, Y-L 4, S 4, M 5, L 3
    left chest; film hot peel; Brackenmoor crest; 70 x 80
    full back; cut vinyl low heat; Numbers 1 to 24; 220 x 260
    left sleeve; cut vinyl low heat; League flash; 70 x 70

4102; Tallow Bridge Netball; parcel
  match top; teal; polyester; XS 3, S 7, M 6, L 2
    centre chest; film hot peel; TB circle; 200 x 150
    full back; cut vinyl low heat; Positions GS to GK; 220 x 200

4103; Harrow Lane Primary School; noon van; high
  PE shirt; sky blue; cotton-polyester blend; Y-XS 6, Y-S 10, Y-M 10, Y-L 6
    left chest; film hot peel; Harrow Lane owl; 65 x 70
  PE hoody; navy; cotton-polyester blend; Y-S 5, Y-M 6, Y-L 3
    left chest; film hot peel; Harrow Lane owl; 65 x 70
    full back; film hot peel; Leavers 2027; 230 x 280

4104; Klub Sportowy Żabia Łąka; noon van
  training shirt; green; polyester; Y-M 4, Y-L 6, S 5, M 5
    left chest; film hot peel; Żabka; 75 x 75
    left sleeve; film hot peel; Gwiazda; 70 x 70
    right sleeve; film hot peel; Rok 2027; 70 x 70

4105; Stonewater Cycling Club; parcel
  jersey; white; polyester; S 3, M 5, L 4, XL 2
    front panel; sublimation; Stonewater waves
    badge on panel; film hot peel; Stonewater wheel

4106; Ferny Hill Falcons; parcel
  warm-up shirt; white; polyester; M 5, L 6, XL 3
    front panel; sublimation; Falcon wings
    badge on panel; film hot peel; Falcon feather

4107; Osprey Street Books; noon van
  tote bag; natural; canvas; one size 36
    bag front; screen-printed hot split; Reading owl; 200 x 230

4108; Ταβέρνα Γαλάζιο Κύμα; parcel
  tote bag; navy; canvas; one size 24
    bag front; screen-printed hot split; Γαλάζιο κύμα; 200 x 180
  waiter's shirt; white; cotton; S 4, M 6, L 4
    left chest; film hot peel; Γαλάζιο κύμα, μικρό; 90 x 60

4109; Corner Loaf Bakery; parcel
  bread bag; natural; canvas; one size 30
    bag front; film cold peel; Wheat ear; 150 x 220

4110; Wickham Allotments; night line
  tote bag; green; canvas; one size 18
    bag front; cut vinyl; Fork and spade; 180 x 180

4111; Rushmere Harbour Tours; noon van
  cap; navy; cotton; one size 24
    cap front; film hot peel; Rushmere anchor

4112; Dunmarrow Golf Society; parcel
  cap; stone; cotton; one size 20
    cap front; cut vinyl; DGS 1927

4113; Пекарня Рыжий Кот; noon van
  cap; orange; cotton; one size 16
    cap front; film hot peel; Рыжий кот
  baker's shirt; white; cotton; S 3, M 5, L 4
    full back; film hot peel; Рыжий кот, большой; 250 x 300

4114; Larch & Daughters Tree Care; parcel
  cap; black; cotton; one size 12
    cap front; patch; Larch patch; 100 x 55
  work shirt; olive; cotton; M 6, L 8, XL 5, 2XL 3
    left chest; film cold peel; Larch, small; 90 x 70
    full back; film cold peel; Larch, large; 300 x 280

4115; Pell Roofing; parcel
  hoody; black; cotton-polyester blend; M 4, L 6, XL 4, 3XL 2; lay the zip beside the platen
    left chest; film hot peel; Pell chimney; 90 x 80
    full back; film hot peel; Pell Roofing; 330 x 420

4116; Marrow & Finch Electrics; parcel
  polo shirt; royal blue; cotton-polyester blend; S 3, M 6, L 6, XL 3; in 10:00
    left chest; cut vinyl low heat; M&F spark; 85 x 60
    nape; cut vinyl low heat; mandf; 70 x 30
  work trousers; grey; cotton-polyester blend; M 6, L 6
    left leg; cut vinyl low heat; M&F spark, tall; 75 x 200

4117; Tideway Kayaks; noon van; rush
  crew shirt; yellow; polyester; S 4, M 8, L 6
    full front; film hot peel; Tideway paddle; 280 x 300
    right sleeve; film hot peel; Crew; 75 x 60

4118; 喫茶あおぞら; noon van
  T-shirt; cream; cotton; S 5, M 8, L 5
    full front; film hot peel; あおぞら; 260 x 260
    neck label; film hot peel; あおぞら 小; 60 x 45

4119; Bramblewick Brewery; night line
  T-shirt; black; cotton; S 6, M 10, L 10, XL 6
    full front; film hot peel; Bramble hare; 280 x 330
    neck label; film hot peel; Bramblewick label; 60 x 50

4120; Nettle & Plum; parcel
  T-shirt; white; cotton; S 8, M 10, L 8
    neck label; neck label transfer; Nettle & Plum label; 55 x 55
    left chest; film hot peel; Plum; 80 x 80

4121; Nettle & Plum; night line
  sweater; sage; cotton; S 6, M 8, L 6
    neck label; neck label transfer; Nettle & Plum label; 55 x 55

4122; Little Acorns Nursery; noon van
  smock; red; cotton; Y-XS 10, Y-S 10
    centre chest; screen-printed hot split; Acorn; 160 x 150

4123; Fallow Lane Running Club; parcel; high
  running vest; orange; polyester; S 6, M 9, L 7, XL 2; in 10:00
    full front; film hot peel; Fallow hare; 250 x 200
    full back; film hot peel; Fallow Lane; 260 x 120

4124; Hollin Tower Choir; parcel
  T-shirt; burgundy; cotton; S 8, M 8, L 6, XL 2
    centre chest; flock vinyl; Hollin harp; 200 x 160

4125; Gorse Bay Lifeguards; night line
  T-shirt; white; cotton; S 6, M 8, L 6
    full back; screen-printed hot split; Lifeguard; 300 x 120; in 11:00
    left chest; screen-printed hot split; Gorse Bay; 90 x 90

4126; Quillfeather Press; parcel
  T-shirt; grey; cotton; S 5, M 9, L 6
    full front; screen-printed hot split; Quill; 250 x 300

4127; Mossbank Scouts; noon van
  scout shirt; green; cotton; Y-M 8, Y-L 6, S 4
    left sleeve; patch; Mossbank patch; 70 x 70

4128; Vale Orchard Cider; night line
  apron; brown; canvas; one size 12
    bag front; cut vinyl; Vale apple; 200 x 220

4129; Redmire Rugby; noon van
  training shorts; black; polyester; S 5, M 8, L 6
    left leg; film hot peel; Redmire R; 70 x 90

4130; Silverbeck Swim School; parcel
  wind jacket; navy; nylon; Y-L 5, S 5, M 4
    left chest; cut vinyl low heat; Silverbeck fish; 70 x 60
    full back; cut vinyl low heat; COACH; 240 x 80

4131; Copperfold Hill Farm; noon van
  bib apron; green; canvas; one size 14
    bag front; film cold peel; Hill Farm hen; 180 x 200
  work shirt; sand; cotton; M 5, L 6, XL 3
    left chest; film cold peel; Hill Farm hen, small; 80 x 80

4132; Whistledown Quarry; noon van
  safety T-shirt; yellow; polyester; M 8, L 10, XL 6
    left chest; screen-printed low bleed; WQ; 90 x 90
    full back; screen-printed low bleed; Whistledown Quarry; 300 x 150

4133; Juniper & Oakes Removals; parcel
  polo shirt; navy; cotton-polyester blend; M 7, L 8, XL 5
    left chest; screen-printed low bleed; J&O; 85 x 85
    full back; screen-printed low bleed; Juniper & Oakes; 290 x 140

4134; Saltmarsh Sailing School; noon van
  crew shirt; white; cotton; Y-M 8, Y-L 8, S 6, M 4
    full front; screen-printed hot split; Saltmarsh heron; 210 x 230

4135; Kestrel Court Theatre; night line
  T-shirt; black; cotton; S 6, M 8, L 6
    full front; flock vinyl; Kestrel mask; 230 x 260

4136; Ziemowit Żółkiew Warsztat; parcel
  work shirt; grey; cotton; M 5, L 7, XL 4
    left chest; cut vinyl; Warsztat; 90 x 60
    full back; cut vinyl; Żółkiew; 280 x 120

4137; Gullane Row Hospice Shop; night line; Wed
  tote bag; natural; canvas; one size 24
    bag front; screen-printed hot split; Gull and sun; 190 x 190

4138; Oldcastle Hockey; parcel
  match shirt; purple; polyester; S 5, M 6, L 4
    centre chest; film hot peel; Oldcastle tower; 220 x 160
    full back; cut vinyl low heat; Numbers 1 to 15; 230 x 260
    left sleeve; cut vinyl low heat; Oldcastle O; 65 x 65
    right sleeve; cut vinyl low heat; Oldcastle O; 65 x 65

4139; Thistle Lane Dance; noon van
  T-shirt; pink; cotton; Y-S 6, Y-M 8, Y-L 6
    centre chest; cut vinyl; Thistle leap; 170 x 150

4140; Pumphouse Climbing; night line; Wed
  T-shirt; slate; cotton; S 6, M 8, L 6, XL 2
    full back; film hot peel; Pumphouse wall; 300 x 340
    left chest; film hot peel; Pumphouse P; 80 x 80
"""

RUSH = """
4201; Gannet Point Regatta; parcel; rush
  T-shirt; white; cotton; S 3, M 6, L 5; in 10:30
    full front; film hot peel; Regatta 2027; 260 x 240
    neck label; film hot peel; Regatta label; 60 x 45

4202; Brackenmoor Juniors; night line; high
  match shirt; red; polyester; Y-M 2, M 2
    left chest; film hot peel; Brackenmoor crest; 70 x 80
    full back; cut vinyl low heat; Numbers 25 to 28; 220 x 260
"""

SMALL = """
4001; Cuckoo Lane Bakery; noon van
  T-shirt; navy; cotton; S 4, M 6, L 4
    full front; film hot peel; Cuckoo; 250 x 250
    neck label; film hot peel; Cuckoo label; 60 x 45

4002; Cuckoo Lane Bakery; parcel
  cap; navy; cotton; one size 12
    cap front; film hot peel; Cuckoo, small

4003; Zielona Łódka; parcel; high
  match shirt; white; polyester; Y-M 4, Y-L 4, S 5
    left chest; film hot peel; Łódka; 70 x 70
    left sleeve; film hot peel; Fala; 70 x 60

4004; Tanner Row Garage; night line
  work shirt; grey; cotton; M 4, L 5, XL 3
    left chest; film cold peel; Tanner spanner; 90 x 60
    full back; film cold peel; Tanner Row; 300 x 140

4005; Willow Market; night line
  tote bag; natural; canvas; one size 20; in 10:00
    bag front; screen-printed hot split; Willow; 180 x 200
"""
