using KilnShare.Core.Kilns;
using KilnShare.Core.Loading.Checks;

namespace KilnShare.Core.Loading;

/// <summary>
/// Whether a plan keeps every rule, worked out slowly and obviously, apart from the search: its own geometry in real numbers,
/// distances by definition. Called in every property test and before a plan is published.
/// </summary>
public static partial class LoadChecks
{
    /// <summary>A distance may be short by so much, µm: the most that rounding turned corners to whole micrometres can cost.</summary>
    public const double ToleranceMicrometres = 2;

    /// <summary>Every broken rule in words; empty when the plan is sound.</summary>
    public static IReadOnlyList<string> Violations(LoadProblem problem, LoadPlan plan)
    {
        var found = new List<string>();
        Counting(problem, plan, found);
        if (found.Count > 0) return found;
        var scene = new Scene(problem, plan);
        ShelvesInChamber(scene, found);
        WareOnShelves(scene, found);
        WareApart(scene, found);
        WareUnderShelves(scene, found);
        KeepOutsKept(scene, found);
        PostsStand(scene, found);
        PostsCarry(scene, found);
        PostsApart(scene, found);
        ShelvesBalance(scene, found);
        Figures(scene, found);
        KeptStays(problem, plan, found);
        return found;
    }

    private static void Counting(LoadProblem problem, LoadPlan plan, List<string> found)
    {
        var seen = new HashSet<(string, int)>();
        var pieces = problem.Pieces.ToDictionary(p => p.Id, StringComparer.Ordinal);
        var placed = plan.Shelves.SelectMany(s => s.Placements).Select(p => (p.PieceId, p.Copies));
        foreach (var (id, copies) in placed.Concat(plan.Unplaced.Select(u => (u.PieceId, u.Copies))))
        {
            foreach (var copy in copies)
            {
                if (!pieces.TryGetValue(id, out var piece) || copy < 0 || copy >= piece.Quantity) found.Add($"There is no copy {copy} of {id}.");
                else if (!seen.Add((id, copy))) found.Add($"Copy {copy} of {id} appears twice.");
            }

            if (copies.Count == 0) found.Add($"A placement of {id} holds no copy.");
        }

        foreach (var piece in problem.Pieces)
        {
            for (var copy = 0; copy < piece.Quantity; copy++)
            {
                if (!seen.Contains((piece.Id, copy))) found.Add($"Copy {copy} of {piece.Id} is neither placed nor named as unplaced.");
            }
        }

        CountShelves(problem, plan, found);
    }

    private static void CountShelves(LoadProblem problem, LoadPlan plan, List<string> found)
    {
        for (var i = 0; i < plan.Shelves.Count; i++)
        {
            if (plan.Shelves[i].Index != i) found.Add($"Shelf {i} has index {plan.Shelves[i].Index}.");
            if (i > 0 && plan.Shelves[i].Top < plan.Shelves[i - 1].Top) found.Add($"Shelf {i} is listed above a higher one.");
        }

        foreach (var group in plan.Shelves.GroupBy(s => s.ShelfId, StringComparer.Ordinal))
        {
            var stock = problem.Furniture.Shelves.FirstOrDefault(s => string.Equals(s.Id, group.Key, StringComparison.Ordinal));
            if (stock is null) found.Add($"There is no shelf of kind {group.Key}.");
            else if (group.Count() > stock.Count) found.Add($"{group.Count()} shelves of kind {group.Key} are used, there are {stock.Count}.");
        }

        foreach (var index in plan.Posts.SelectMany(p => p.Carries.Append(p.StandsOn ?? 0)))
        {
            if (index < 0 || index >= Math.Max(1, plan.Shelves.Count)) found.Add($"A post names shelf {index}, which does not exist.");
        }
    }

    private static void KeptStays(LoadProblem problem, LoadPlan plan, List<string> found)
    {
        if (problem.Start is not { } start || problem.Keep == Keep.None) return;
        var now = plan.Shelves.SelectMany(s => s.Placements.SelectMany(p => p.Copies.Select(c => (Key: (p.PieceId, c), Shelf: s, Place: p))))
            .ToDictionary(x => x.Key, x => (x.Shelf, x.Place));
        var quantities = problem.Pieces.ToDictionary(p => p.Id, p => p.Quantity, StringComparer.Ordinal);
        foreach (var shelf in start.Shelves)
        {
            foreach (var place in shelf.Placements)
            {
                foreach (var copy in place.Copies)
                {
                    if (!quantities.TryGetValue(place.PieceId, out var quantity) || copy >= quantity) continue;
                    if (!problem.IsKept(place.PieceId, copy)) continue;
                    if (!now.TryGetValue((place.PieceId, copy), out var stands) || !Same(shelf, place, stands.Shelf, stands.Place))
                        found.Add($"Copy {copy} of {place.PieceId} was to stay where it was.");
                }
            }
        }
    }

    private static bool Same(PlacedShelf shelfA, Placement a, PlacedShelf shelfB, Placement b) =>
        string.Equals(shelfA.ShelfId, shelfB.ShelfId, StringComparison.Ordinal) && shelfA.Top == shelfB.Top
        && a.X == b.X && a.Y == b.Y && a.RotationThousandths == b.RotationThousandths;

    private static string Mm(double micrometres) => FormattableString.Invariant($"{micrometres / 1000:0.###} mm");

    /// <summary>The plan with every outline worked out once.</summary>
    private sealed class Scene
    {
        public Scene(LoadProblem problem, LoadPlan plan)
        {
            Problem = problem;
            Plan = plan;
            Chamber = CheckShape.Of(problem.Chamber.Footprint, 0, 0, 0);
            var kinds = problem.Furniture.Shelves.ToDictionary(s => s.Id, StringComparer.Ordinal);
            var pieces = problem.Pieces.ToDictionary(p => p.Id, StringComparer.Ordinal);
            Shelves = [.. plan.Shelves.Select(s => new ShelfSeen(s, kinds[s.ShelfId]))];
            Ware = [.. Shelves.SelectMany(s => s.Placed.Placements.Select(p => new WareSeen(s, p, pieces[p.PieceId])))];
            KeepOuts = [.. problem.KeepOuts.Select(k => CheckShape.Of(k.Footprint, k.At.X, k.At.Y, 0))];
            Posts = [.. plan.Posts.Select(p => CheckShape.Disc(p.X.Micrometres, p.Y.Micrometres, problem.Furniture.PostDiameter.Micrometres))];
        }

        public LoadProblem Problem { get; }

        public LoadPlan Plan { get; }

        public CheckShape Chamber { get; }

        public ShelfSeen[] Shelves { get; }

        public WareSeen[] Ware { get; }

        public CheckShape[] KeepOuts { get; }

        public CheckShape[] Posts { get; }

        public long Lid => Problem.Chamber.Height.Micrometres;

        public long Gap => Problem.Spacing.Gap.Micrometres;

        public long Headroom => Problem.Spacing.Headroom.Micrometres;

        public bool FromStock => Problem.Furniture.PostHeights == PostHeights.Stock;
    }

    private sealed class ShelfSeen(PlacedShelf placed, ShelfStock kind)
    {
        public PlacedShelf Placed { get; } = placed;

        public ShelfStock Kind { get; } = kind;

        public CheckShape Shape { get; } = CheckShape.Of(kind.Footprint, placed.X.Micrometres, placed.Y.Micrometres, placed.RotationThousandths);

        public long Top { get; } = placed.Top.Micrometres;

        public long Underside { get; } = (placed.Top - kind.Thickness).Micrometres;

        public string Name => $"shelf {Placed.Index}";
    }

    private sealed class WareSeen(ShelfSeen shelf, Placement placed, LoadPiece piece)
    {
        public ShelfSeen Shelf { get; } = shelf;

        public Placement Placed { get; } = placed;

        public LoadPiece Piece { get; } = piece;

        public CheckShape Shape { get; } = CheckShape.Of(piece.Footprint, placed.X.Micrometres, placed.Y.Micrometres, placed.RotationThousandths);

        public long From { get; } = shelf.Top;

        public long To { get; } = shelf.Top + piece.Height.Micrometres + ((placed.Copies.Count - 1) * (piece.Stack?.Add.Micrometres ?? 0));

        public string Name => $"{Placed.PieceId} (copy {Placed.Copies[0]})";
    }
}
