using KilnShare.Core.CoFiring;
using KilnShare.Core.Firings;
using KilnShare.Core.Materials;

namespace KilnShare.Core.Outcomes;

/// <summary>How like ware that was fired is to ware that is to be.</summary>
/// <param name="Weight">How much a firing of it counts: 1 where the recipe is the same, less where it is not.</param>
/// <param name="Unlike">What differs, in words; empty where the recipe is the same.</param>
/// <remarks>
/// Every difference takes a part of the weight, and the parts multiply. That lesser weight is what a power prior gives to outcomes of other ware (Ibrahim and
/// Chen, Statistical Science 15, 2000, 46). How much each takes is our choice: nobody has published it.
/// </remarks>
public sealed record Likeness(double Weight, IReadOnlyList<string> Unlike)
{
    private const double ACoatMoreOrLess = 0.5;
    private const double AHalfConeOff = 0.7;
    private const double AConeOff = 0.5;
    private const double SisterClay = 0.5;
    private const double OtherApplication = 0.7;
    private const double AnotherGlazeInTheStack = 0.3;
    private const double OtherOrder = 0.3;
    private const double OtherFiredCoat = 0.5;
    private const int MostCoatsOff = 2;

    // Less like than this says nothing.
    private const double Least = 0.1;

    // Sister clays share half of the cones that either is for.
    private const double LeastShared = 0.5;

    /// <summary>The likeness; null where the ware is too unlike to say anything.</summary>
    /// <param name="wanted">The ware as it is to go in; what the firing is to fire is raw.</param>
    /// <param name="aim">The firing; null where none is chosen yet: cones and atmospheres are then not compared.</param>
    /// <param name="seen">Ware that was fired. What nobody wrote down of how its coats went on is not held against it.</param>
    public static Likeness? Of(Ware wanted, FiringAim? aim, SeenCopies seen)
    {
        var weighing = new Weighing();
        weighing.Clay(wanted.Clay, seen.Clay);
        if (aim is not null) weighing.Heat(aim, seen.Aim);
        weighing.Coats([.. wanted.Layers.Where(l => l.IsRaw)], [.. seen.Fired]);
        weighing.FiredCoats(NamesOfFired(wanted.Layers), NamesOfFired(seen.Layers));
        return weighing.Weight < Least ? null : new Likeness(weighing.Weight, weighing.Unlike);
    }

    /// <summary>Clays for nearly the same cones.</summary>
    public static bool AreSisters(ClayBody one, ClayBody other)
    {
        if (one.Cones is not { } a || other.Cones is not { } b || (a.Series is not null && b.Series is not null && a.Series != b.Series)) return false;
        var shared = Math.Min(a.To.Order, b.To.Order) - Math.Max(a.From.Order, b.From.Order) + 1;
        var either = Math.Max(a.To.Order, b.To.Order) - Math.Min(a.From.Order, b.From.Order) + 1;
        return shared >= LeastShared * either;
    }

    private static List<string> NamesOfFired(IReadOnlyList<Layer> layers) =>
        [.. layers.Where(l => !l.IsRaw).Select(l => l.Glaze.Name).Distinct(StringComparer.Ordinal)];

    /// <summary>Goes through the differences one after the other.</summary>
    private sealed class Weighing
    {
        public double Weight { get; private set; } = 1;

        public List<string> Unlike { get; } = [];

        public void Clay(ClayBody wanted, ClayBody seen)
        {
            if (string.Equals(wanted.Name, seen.Name, StringComparison.Ordinal)) return;
            Take(AreSisters(wanted, seen) ? SisterClay : 0, $"{seen.Name} instead of {wanted.Name}");
        }

        public void Heat(FiringAim wanted, FiringAim seen)
        {
            if (wanted.Series != seen.Series || wanted.Atmosphere != seen.Atmosphere)
            {
                Weight = 0;
                return;
            }

            var off = Math.Abs(seen.Cone.StepsAbove(wanted.Cone));
            if (off > 0) Take(off <= 0.5m ? AHalfConeOff : off <= 1 ? AConeOff : 0, $"cone {seen.Cone} instead of {wanted.Cone}");
        }

        public void Coats(List<Layer> wanted, List<Layer> seen)
        {
            var left = seen.ToList();
            var pairs = new List<(Layer Wanted, Layer Seen)>();
            foreach (var coat in wanted)
            {
                if (left.Find(l => IsSame(l, coat)) is not { } same)
                {
                    Take(AnotherGlazeInTheStack, $"without {coat.Glaze.Name}");
                    continue;
                }

                left.Remove(same);
                pairs.Add((coat, same));
            }

            if (pairs.Count == 0 && wanted.Count + seen.Count > 0) Weight = 0;
            foreach (var more in left) Take(AnotherGlazeInTheStack, $"with {more.Glaze.Name} besides");
            foreach (var (want, saw) in pairs) Coat(want, saw, wanted.Count > 1);
            for (var i = 1; i < pairs.Count; i++)
                if (seen.IndexOf(pairs[i].Seen) < seen.IndexOf(pairs[i - 1].Seen))
                    Take(OtherOrder, $"{pairs[i].Wanted.Glaze.Name} under {pairs[i - 1].Wanted.Glaze.Name} instead of over it");
        }

        public void FiredCoats(List<string> wanted, List<string> seen)
        {
            foreach (var name in wanted.Except(seen, StringComparer.Ordinal)) Take(OtherFiredCoat, $"not over fired {name}");
            foreach (var name in seen.Except(wanted, StringComparer.Ordinal)) Take(OtherFiredCoat, $"over fired {name}");
        }

        private void Coat(Layer wanted, Layer seen, bool named)
        {
            var off = Math.Abs(wanted.Coats - seen.Coats);
            var coats = $"{seen.Coats} {(seen.Coats == 1 ? "coat" : "coats")}{(named ? " of " + seen.Glaze.Name : "")} instead of {wanted.Coats}";
            if (off > 0) Take(off > MostCoatsOff ? 0 : Math.Pow(ACoatMoreOrLess, off), coats);
            if (wanted.AppliedBy is { } how && seen.AppliedBy is { } was && how != was)
                Take(OtherApplication, $"{was.ToString().ToLowerInvariant()} instead of {how.ToString().ToLowerInvariant()}");
        }

        private void Take(double part, string unlike)
        {
            Weight *= part;
            Unlike.Add(unlike);
        }

        private static bool IsSame(Layer one, Layer other) => string.Equals(one.Glaze.Name, other.Glaze.Name, StringComparison.Ordinal);
    }
}
