using System.Globalization;
using System.Text;
using KilnShare.Core.Loading;

namespace KilnShare.Core.Tests.Loading;

/// <summary>All of a plan as text: equal where the plans are equal in every coordinate, shelf, post and figure.</summary>
internal static class PlanText
{
    public static string Of(LoadPlan plan)
    {
        var text = new StringBuilder();
        void Line(string line) => text.Append(line).Append('\n');
        Line(string.Create(
            CultureInfo.InvariantCulture, $"{plan.Top.Micrometres} {plan.PlacedWeight} of {plan.WeightBound}, {plan.Stopped} after {plan.Iterations}"));
        foreach (var s in plan.Shelves)
        {
            Line(string.Create(
                CultureInfo.InvariantCulture,
                $"shelf {s.Index} {s.ShelfId} {s.X.Micrometres} {s.Y.Micrometres} {s.RotationThousandths} ")
                + string.Create(CultureInfo.InvariantCulture, $"{s.Top.Micrometres} {s.ClearAbove.Micrometres} {s.AreaUse}"));
            foreach (var p in s.Placements)
                Line($"  {p.PieceId} {string.Join(',', p.Copies)} {p.X.Micrometres} {p.Y.Micrometres} {p.RotationThousandths} {p.OpenAbove}");
        }

        foreach (var p in plan.Posts)
        {
            var heights = string.Join(',', p.Heights.Select(h => h.Micrometres));
            Line($"post {p.X.Micrometres} {p.Y.Micrometres} {p.From.Micrometres} {p.To.Micrometres} of {heights} "
                + $"on {p.StandsOn} under {string.Join(',', p.Carries)}");
        }

        foreach (var u in plan.Unplaced) Line(Of(u));
        return text.ToString();
    }

    public static string Of(LoadSeriesPlan series) =>
        $"{series.LeastLoads} at least, {series.Stopped} after {series.Iterations}\n"
        + string.Concat(series.Loads.Select(Of)) + string.Join('\n', series.Unplaced.Select(Of));

    private static string Of(UnplacedCopies unplaced) => $"without {unplaced.PieceId} {string.Join(',', unplaced.Copies)} {unplaced.Reason}";
}
