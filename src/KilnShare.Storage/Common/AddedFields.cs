using System.Text.Json.Serialization.Metadata;
using KilnShare.Core.Bookings;
using KilnShare.Core.CoFiring;
using KilnShare.Core.Costs;
using KilnShare.Core.Energy;
using KilnShare.Core.Kilns;
using KilnShare.Core.Pieces;

namespace KilnShare.Storage.Common;

/// <summary>
/// Fields of stored trees that came after the first release, with what their absence says. A tree that says just that is written without them, as it
/// was.
/// </summary>
internal static class AddedFields
{
    private static readonly Dictionary<(Type Tree, string Field), object?> Absent = new()
    {
        [(typeof(PieceMaking), nameof(PieceMaking.TestWare))] = false,
        [(typeof(PieceLayer), nameof(PieceLayer.AppliedBy))] = null,
        [(typeof(PieceLayer), nameof(PieceLayer.Batch))] = null,
        [(typeof(Layer), nameof(Layer.AppliedBy))] = null,
        [(typeof(Layer), nameof(Layer.Batch))] = null,
        [(typeof(KilnMaking), nameof(KilnMaking.Vent))] = null,
        [(typeof(FrozenCopy), nameof(FrozenCopy.TestWare))] = false,
        [(typeof(TariffTerms), nameof(TariffTerms.Fuel))] = Fuel.Electricity,
        [(typeof(MemberUse), nameof(MemberUse.TestVolumeCm3))] = null,
        [(typeof(FiringCostBasis), nameof(FiringCostBasis.Overruled))] = null,
        [(typeof(CostRules), nameof(CostRules.DiscountsBelowLeast))] = false,
        [(typeof(CostRules), nameof(CostRules.TestWarePercent))] = CostRules.MostPercent,
        [(typeof(CostRules), nameof(CostRules.VatPercent))] = 0m,
    };

    /// <summary>Leaves out of a tree what says no more than its absence would.</summary>
    public static void LeaveOut(JsonTypeInfo type)
    {
        foreach (var field in type.Properties)
            if (field.AttributeProvider is System.Reflection.MemberInfo member && Absent.TryGetValue((type.Type, member.Name), out var absent))
                field.ShouldSerialize = (_, value) => !Equals(value, absent);
    }
}
