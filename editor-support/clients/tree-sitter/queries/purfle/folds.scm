; Items fold, and so does what stands below a look, a place or a way.
[
  (rulebook) (urgency_ladder) (hands_ladder) (tiers_ladder) (work) (part) (context) (table) (finding) (raise) (counsel)
  (aid) (example) (alter) (look) (place) (way) (record)
] @fold
