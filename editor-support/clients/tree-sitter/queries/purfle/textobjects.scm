; An item is selected and jumped to like a function, an example like a test.
[
  (rulebook) (urgency_ladder) (hands_ladder) (tiers_ladder) (work) (part) (context) (table) (reckon) (finding) (raise)
  (counsel) (aid) (alter) (without)
] @function.around
(example) @test.around
(comment) @comment.inside
(comment)+ @comment.around
